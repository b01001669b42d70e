# Limits of every individuals chart from checks.csv of an evidence folder alone, in base R: by the
# formulas of the Western Electric Co., Statistical Quality Control Handbook (1956): centre = mean,
# sigma = mean moving range / d2 with d2 = 2 / sqrt(pi), limits = centre -/+ 3 sigma. Values are moved
# to the mean fill age by the slope of lm(reading ~ age + stretch), where it differs from zero.
#
#   Rscript evidence_limits.R checks.csv
#
# Prints: characteristic segment n centre sigma lcl ucl slope
checks <- read.csv(commandArgs(trailingOnly = TRUE)[1], stringsAsFactors = FALSE)
moved <- c("energy_ratio", "fluence", "high_voltage")

limits_of <- function(rows, may_move) {
  used <- rows$date[rows$baseline == "used"]
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
  value <- points$reading - slope * (points$fill_age_days - mean(cells$fill_age_days[cells$known]))
  sigma <- mean(abs(diff(value))) / (2 / sqrt(pi))
  c(length(value), mean(value), sigma, mean(value) - 3 * sigma, mean(value) + 3 * sigma, slope)
}

for (key in unique(checks$characteristic)) {
  of <- checks[checks$characteristic == key, ]
  if (key %in% c("tracker_radial", "tracker_vector") || !any(of$baseline == "used")) next
  found <- limits_of(of, key %in% moved)
  cat(key, 1, sprintf("%.17g", found), "\n")
}
