# Limits of individuals charts from checks.csv of an evidence folder alone, in base R, as its
# README.txt says: by the formulas of the Western Electric Co., Statistical Quality Control Handbook
# (1956): centre = mean, sigma = mean moving range / d2 with d2 = 2 / sqrt(pi), limits = centre -/+ 3
# sigma. Values are moved to the mean fill age by the slope of lm(reading ~ age + stretch), where it
# differs from zero.
#
#   Rscript evidence_limits.R checks.csv              of all, from the rows that say "used"
#   Rscript evidence_limits.R checks.csv KEY FROM TO  of one period, screened here: for a baseline
#                                                     inside which a later one begins
#
# Prints: characteristic segment n centre sigma lcl ucl slope
words <- commandArgs(trailingOnly = TRUE)
checks <- read.csv(words[1], stringsAsFactors = FALSE)
moved <- c("energy_ratio", "fluence", "high_voltage")

# The points of those days, as they are charted: date, value; and the slope.
points_of <- function(rows, used, may_move) {
  rows <- rows[rows$role == "charted" & rows$date %in% used, ]
  cells <- aggregate(cbind(reading, fill_age_days) ~ stretch + fill + date, data = rows, FUN = mean)
  cells$known <- aggregate(fill_age_known == "yes" ~ stretch + fill + date, data = rows, FUN = all)[, 4]
  slope <- 0
  if (may_move && length(unique(cells$fill)) >= 3) {
    fit <- lm(reading ~ fill_age_days + factor(stretch), data = cells)
    of <- summary(fit)$coefficients["fill_age_days", ]
    if (fit$df.residual >= 10 && of["Pr(>|t|)"] < 0.05) slope <- of["Estimate"]
  }
  points <- aggregate(cbind(reading, fill_age_days) ~ date, data = rows, FUN = mean)
  points <- points[order(points$date), ]
  points$value <- points$reading -
    slope * (points$fill_age_days - mean(cells$fill_age_days[cells$known]))
  list(points = points, slope = slope)
}

limits_of <- function(found) {
  value <- found$points$value
  sigma <- mean(abs(diff(value))) / (2 / sqrt(pi))
  c(length(value), mean(value), sigma, mean(value) - 3 * sigma, mean(value) + 3 * sigma, found$slope)
}

# Days with a reading outside tolerance stay out; then what lies beyond 3 sigma, one pass at a time,
# never more than one day in ten.
screened <- function(rows, may_move) {
  charted <- rows[rows$role == "charted", ]
  outside <- charted$reading < charted$tolerance_low | charted$reading > charted$tolerance_high
  days <- unique(charted$date)
  used <- setdiff(days, charted$date[outside %in% TRUE])
  left_out <- 0
  repeat {
    found <- points_of(rows, used, may_move)
    limits <- limits_of(found)
    beyond <- abs(found$points$value - limits[2]) > 3 * limits[3]
    if (!any(beyond) || 10 * (left_out + sum(beyond)) > length(days)) return(found)
    left_out <- left_out + sum(beyond)
    used <- found$points$date[!beyond]
  }
}

if (length(words) == 4) {
  rows <- checks[checks$characteristic == words[2] & checks$date >= words[3] & checks$date <= words[4], ]
  cat(words[2], 1, sprintf("%.17g", limits_of(screened(rows, words[2] %in% moved))), "\n")
} else {
  for (key in unique(checks$characteristic)) {
    of <- checks[checks$characteristic == key, ]
    if (key %in% c("tracker_radial", "tracker_vector") || !any(of$baseline == "used")) next
    used <- of$date[of$baseline == "used"]
    cat(key, 1, sprintf("%.17g", limits_of(points_of(of, used, key %in% moved))), "\n")
  }
}
