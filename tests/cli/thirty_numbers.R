# Thirty numbers of the demo clinic's papers, from its logs alone, in base R.
#
#   Rscript thirty_numbers.R SAMPLEDATA
#
# Each line: paper <tab> the first words of its page <tab> words that stand there, blanks and line
# breaks being one. A paper is "north" or "south" (the report of September 2026), "case" (the evidence
# of Suite North from 2026-01-01) or "status". The numbers were drawn by lot from all that those papers
# print, and rounded here as there; alarm limits, which come of a simulated budget, are not among them
# (tests/unit/spc has theirs).
#
# Formulas: Western Electric Co., Statistical Quality Control Handbook (1956) for individuals charts
# and zone rules; Montgomery, Introduction to Statistical Quality Control (6th ed., 2009) for the
# tabular CUSUM (9.1), capability (8.2) and Hotelling's T-squared (11.3); Bissell (1990) for the
# interval of Cpk; Hinkley (1971) for the hinge by maximum likelihood; the rest by R's own lm,
# t.test, var.test and cor.test.
invisible(Sys.setlocale("LC_CTYPE", "C.UTF-8")) # what follows, and what is written, is UTF-8
folder <- commandArgs(trailingOnly = TRUE)[1]
at <- function(name) file.path(folder, name)
moment <- function(x) as.numeric(as.POSIXct(x, format = "%Y-%m-%d %H:%M", tz = "UTC")) / 86400
said <- function(paper, where, ...) {
  words <- gsub("(^|[ (])-", "\\1\u2212", sprintf(...)) # a minus as the pages write it
  cat(paper, "\t", where, "\t", words, "\n", sep = "")
}
day <- function(date) {
  date <- as.Date(date)
  paste(as.integer(format(date, "%d")), month.abb[as.integer(format(date, "%m"))], format(date, "%Y"))
}

# The logs, without the lines that can't be read (refused.csv), each row once.
read_north <- function() {
  files <- c("suite-north.csv", "suite-north-2026-q3.csv")
  rows <- unique(do.call(rbind, lapply(files, function(f) {
    read.csv(at(f), colClasses = "character", na.strings = "")
  })))
  for (name in grep("energy|fluence|offset|target|selftest_(passed|total)", names(rows), value = TRUE)) {
    rows[[name]] <- suppressWarnings(as.numeric(rows[[name]]))
  }
  rows
}
read_south <- function() {
  rows <- read.csv(file(at("suite-south.txt"), encoding = "latin1"), sep = ";", skip = 2,
    header = FALSE, colClasses = "character", na.strings = "")[-1, ]
  names(rows) <- c("date", "time", "target_mj", "energy_mj", "energy_sd_pct", "fluence_mj_cm2",
    "offset_x_um", "offset_y_um", "selftest_passed", "selftest_total", "hv_kv", "remark")
  for (name in names(rows)[3:11]) {
    rows[[name]] <- suppressWarnings(as.numeric(sub(",", ".", rows[[name]], fixed = TRUE)))
  }
  rows$date <- sub("(..)[.](..)[.](....)", "\\3-\\2-\\1", rows$date)
  rows
}
events <- read.csv(at("events.csv"), colClasses = "character")

# Kept checks in the order of time, with the days since the refill before.
kept <- function(rows, unit) {
  when <- moment(paste(rows$date, rows$time))
  good <- !is.na(when) & !is.na(rows$energy_mj) & rows$energy_mj >= 0
  rows <- rows[good, ]
  rows$when <- when[good]
  rows <- rows[order(rows$when), ]
  refills <- with(events[events$unit == unit & events$event == "gas_refill", ], moment(paste(date, time)))
  rows$fill <- findInterval(rows$when, refills)
  rows$age <- rows$when - refills[rows$fill]
  rows$energy_ratio <- rows$energy_mj / rows$target_mj
  rows
}
north <- kept(read_north(), "Suite North")
south <- kept(read_south(), "Suite South")

# One point a day of one characteristic: the mean of the day, without what was repeated within the
# hour of a check outside tolerance.
points_of <- function(rows, key, low = -Inf, high = Inf) {
  rows <- rows[!is.na(rows[[key]]), ]
  rows$value <- rows[[key]]
  before <- c(NA, head(rows$value, -1))
  repeated <- c(FALSE, diff(rows$when) <= 1 / 24) & (before < low | before > high)
  rows <- rows[!(repeated %in% TRUE), ]
  aggregate(cbind(value, age, fill, when) ~ date, data = rows, FUN = mean)
}

d2 <- 2 / sqrt(pi)
sigma_of <- function(value) mean(abs(diff(value))) / d2

# The provisional baseline: the first 60 points, without those outside tolerance, then without
# those beyond 3 sigma, one pass at a time.
baseline_of <- function(points, adjust, low = -Inf, high = Inf) {
  first <- head(points, 60)
  use <- first$value >= low & first$value <= high
  repeat {
    used <- first[use, ]
    slope <- half <- 0
    if (adjust) {
      fit <- lm(value ~ age + factor(fill), data = used)
      slope <- coef(fit)[["age"]]
      half <- slope - confint(fit, "age")[1]
    }
    moved <- used$value - slope * (used$age - mean(used$age))
    beyond <- abs(moved - mean(moved)) > 3 * sigma_of(moved)
    if (!any(beyond)) break
    use[use][beyond] <- FALSE
  }
  list(
    n = nrow(used), slope = slope, half = half, age = mean(used$age), oldest = max(used$age),
    value = moved, centre = mean(moved), sigma = sigma_of(moved), used = used
  )
}
moved_by <- function(points, base) points$value - base$slope * (points$age - base$age)

# Points at which the low side signals: the four zone rules and the CUSUM at h = 5, k = 0.5, which
# starts anew with h / 2 after a service, recalibration, cleaning or change of the meter.
count_in <- function(hit, width, least) {
  sapply(seq_along(hit), function(i) {
    hit[i] && sum(hit[max(1, i - width + 1):i]) >= least
  })
}
cusum_low <- function(z, when, restarts) {
  sum <- run <- numeric(length(z))
  now <- since <- 0
  for (i in seq_along(z)) {
    if (i > 1 && any(restarts > when[i - 1] & restarts <= when[i])) now <- 2.5
    now <- max(0, now - z[i] - 0.5)
    since <- if (now > 0) since + 1 else 0
    sum[i] <- now
    run[i] <- since
  }
  list(sum = sum, run = run)
}
low_side <- function(points, base, unit) {
  later <- points[points$date > max(base$used$date), ]
  z <- (moved_by(later, base) - base$centre) / base$sigma
  kinds <- c("service", "recalibration", "optics_cleaned", "meter_changed")
  restarts <- with(events[events$unit == unit & events$event %in% kinds, ], moment(paste(date, time)))
  cusum <- cusum_low(z, later$when, restarts)
  judged <- later$age <= base$oldest + 1
  flagged <- judged & (z < -3 | count_in(z < -2, 3, 2) | count_in(z < -1, 5, 4) |
    count_in(z < 0, 8, 8) | cusum$sum > 5)
  at <- which(flagged)
  last <- max(at[c(TRUE, diff(at) > 8)]) # fewer than 8 quiet points between: one episode
  over <- cusum$sum > 5
  newest <- max(which(over))
  began <- newest - cusum$run[newest] + 1 # the CUSUM's run that signals now, and its first signal
  rise <- min(which(over & seq_along(over) >= began))
  list(
    n = sum(at >= last), first = later$date[last], signalled = later$date[rise],
    began = later$date[began],
    size = -base$sigma * (0.5 + cusum$sum[rise] / cusum$run[rise]), last8 = mean(tail(z, 8)) * base$sigma
  )
}

# ---- Limits, signals -----------------------------------------------------------------------------

ratio <- points_of(north, "energy_ratio", 0.96, 1.04)
ratio_base <- baseline_of(ratio, TRUE, 0.96, 1.04)
now <- low_side(ratio, ratio_base, "Suite North")
limits <- ratio_base$centre + c(-3, 0, 3) * ratio_base$sigma
page <- "Pulse-energy ratio"
said("north", page, "%.4f ± %.4f", ratio_base$centre, ratio_base$sigma) # 1
said("north", page, "LCL %.4f", limits[1]) # 2
said("north", page, "UCL %.4f", limits[3]) # 3
said("north", page, "at %d points (", now$n) # 4
said("north", page, "Episode opened, before these days %s", day(now$first)) # shown from April on
said("north", page, "CUSUM run began %s", day(now$began)) # 5
said("north", page, "The last 8 points lie on average %.1f %% from", 100 * now$last8 / ratio_base$centre) # 6
last <- tail(north$energy_ratio, 1)
said("north", page, "The last, %.4f as measured, is %.4f above the low limit", last, last - 0.96) # 7

fluence <- points_of(north, "fluence_mj_cm2")
fluence_base <- baseline_of(fluence, TRUE)
now <- low_side(fluence, fluence_base, "Suite North")
page <- "Fluence"
said("north", page, "%.2f mJ/cm² a day ± %.2f", fluence_base$slope, fluence_base$half) # 8
said("north", page, "at %d points (", now$n) # 9
earlier <- now$signalled < now$first # its run signalled in an episode before
words <- if (earlier) "signalled before this episode as well, first on %s" else "first signalled in it on %s"
said("north", page, words, day(now$signalled))
words <- if (earlier) "put its mean shift" else "put the mean shift of its run"
said("north", page, "%s at about %.2f mJ/cm²", words, now$size) # 10
said("case", page, "UCL %.2f", fluence_base$centre + 3 * fluence_base$sigma) # 11

southern <- points_of(south, "energy_ratio")
southern_base <- baseline_of(southern, TRUE)
page <- "Pulse-energy ratio"
said("south", page, "%.3f %% a day ± %.3f", 100 * southern_base$slope, 100 * southern_base$half) # 12
lag1 <- with(southern_base, sum((value[-1] - centre) * (head(value, -1) - centre)) / sum((value - centre)^2))
said("south", page, "lag-1 autocorrelation %.2f, perhaps up to %.2f", lag1, lag1 + 1.96 / sqrt(60)) # 13
volts <- head(points_of(south, "hv_kv")$value, 60)
trend <- cor.test(seq_along(volts), volts, method = "kendall", exact = FALSE, continuity = TRUE)$p.value
said("south", "Method", "Discharge voltage. No drift of the baseline’s own points could be told (trend p %.3f", trend) # 14

# ---- Capability, the tracker's vector and radius ---------------------------------------------------

ppk_of <- function(x, low, high) {
  ppk <- min(high - mean(x), mean(x) - low) / (3 * sd(x))
  half <- qnorm(0.975) * sqrt(1 / (9 * length(x)) + ppk^2 / (2 * (length(x) - 1)))
  sprintf("Ppk %.2f (%.2f – %.2f)", ppk, ppk - half, ppk + half)
}
said("north", "Tracker offset x", "%s", ppk_of(na.omit(north$offset_x_um), -40, 40)) # 15
said("south", "Pulse-energy ratio", "%s", ppk_of(south$energy_ratio, 0.94, 1.06)) # 16

offsets_of <- function(rows) {
  cbind(points_of(rows, "offset_x_um")$value, points_of(rows, "offset_y_um")$value)
}
beta_limit <- function(n) (n - 1)^2 / n * qbeta(1 - 0.0027, 1, (n - 3) / 2)
f_limit <- function(n) 2 * (n + 1) * (n - 1) / (n * (n - 2)) * qf(1 - 0.0027, 2, n - 2)
vector_of <- function(offsets) {
  first <- head(offsets, 60)
  repeat {
    beyond <- mahalanobis(first, colMeans(first), cov(first)) > beta_limit(nrow(first))
    if (!any(beyond)) break
    first <- first[!beyond, ]
  }
  list(
    limit = f_limit(nrow(first)),
    last = mahalanobis(offsets[nrow(offsets), ], colMeans(first), cov(first))
  )
}
# The radius below which 99.73 % of a bivariate normal distribution lies, by integration.
radius_of <- function(first) {
  centre <- colMeans(first)
  spread <- cov(first)
  density <- function(x, y) {
    exp(-mahalanobis(cbind(x - centre[1], y - centre[2]), c(0, 0), spread) / 2) / (2 * pi * sqrt(det(spread)))
  }
  inside <- function(limit) {
    along <- function(r) integrate(function(a) density(r * cos(a), r * sin(a)), 0, 2 * pi)$value
    integrate(function(r) r * sapply(r, along), 0, limit)$value
  }
  uniroot(function(limit) inside(limit) - 0.9973, c(5, 100), tol = 1e-6)$root
}
page <- "Tracker offset, T²"
offsets <- offsets_of(south)
said("south", page, "T² at its limit, %.2f. Circle: the limit of the radius, %.1f µm", vector_of(offsets)$limit,
  radius_of(head(offsets, 60))) # 17, 18
said("south", page, "%.2f on 30 Sep 2026", vector_of(offsets)$last) # 19
said("case", page, "limit of the radius, %.1f µm", radius_of(head(offsets_of(north), 60))) # 20

# ---- Before and after, drift -------------------------------------------------------------------------

sides_of <- function(points, base, event) {
  value <- moved_by(points, base)
  list(
    before = tail(value[points$when < event & points$when >= event - 30], 20),
    after = head(value[points$when >= event & points$when <= event + 30], 20)
  )
}
bottle <- moment("2026-06-15 06:40")
page <- "Before and after"
sides <- sides_of(ratio, ratio_base, bottle)
welch <- t.test(sides$after, sides$before)
said("case", page, "%+.2f %% (%.2f to %+.2f) p %.2f", 100 * diff(rev(welch$estimate)), 100 * welch$conf.int[1],
  100 * welch$conf.int[2], welch$p.value) # 21, 22
said("case", page, "%.4f %.4f %.2f", mean(tail(sides$before, 8)), mean(head(sides$after, 8)),
  var.test(sides$after, sides$before)$estimate) # 23
sides <- sides_of(fluence, fluence_base, bottle)
spread <- var.test(sides$after, sides$before)
said("case", page, "%.2f (%.2f to %.2f)", spread$estimate, spread$conf.int[1], spread$conf.int[2]) # 24

# A flat line that falls from some day on: the day in steps of an hour, the lines by least squares.
use <- ratio$value >= 0.96
value <- moved_by(ratio, ratio_base)[use]
when <- ratio$when[use]
residual <- function(start) {
  sum(lm.fit(cbind(1, pmax(0, when - start)), value)$residuals^2)
}
starts <- seq(moment("2025-10-01 00:00"), moment("2026-06-01 00:00"), by = 1 / 24)
squares <- sapply(starts, residual)
start <- starts[which.min(squares)]
line <- lm.fit(cbind(1, pmax(0, when - start)), value)$coefficients
page <- "Suite North"
said("case", page, "the likeliest is %s", day(as.POSIXct(86400 * start, origin = "1970-01-01", tz = "UTC"))) # 25
said("case", page, "%.3f %% a month", 100 * line[2] * 365.25 / 12 / ratio_base$centre) # 26
said("case", page, "at the mean fill age, is %.4f", sum(line * c(1, max(when) - start))) # 27
said("case", page, "values than none does, is %.1f; its threshold", length(value) * log(sum((value - mean(value))^2) / min(squares))) # 28

# ---- Counts --------------------------------------------------------------------------------------------

said("status", "2 lasers, the worst first", "%d failure in %d tests", sum(north$selftest_passed < north$selftest_total), nrow(north)) # 29
said("status", "Suite South", "inside, %d of %d", sum(south$fluence_mj_cm2 >= 197 & south$fluence_mj_cm2 <= 223,
  na.rm = TRUE), sum(!is.na(south$fluence_mj_cm2))) # 30
