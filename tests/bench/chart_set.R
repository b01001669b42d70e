# The same as chart_set.py, in base R.
#
#     Rscript chart_set.R LOG PDF
arguments <- commandArgs(trailingOnly = TRUE)
log <- read.csv(arguments[1])
log$at <- as.POSIXct(paste(log$date, log$time), tz = "UTC")
log$day <- as.Date(log$date)
log$energy_ratio <- log$energy_mj / log$target_mj
log$tracker_radial <- sqrt(log$offset_x_um^2 + log$offset_y_um^2)

pdf(arguments[2], width = 11.69, height = 8.27)
par(mfrow = c(3, 1), mar = c(2, 4, 2, 1))
for (name in c("energy_ratio", "energy_sd_pct", "offset_x_um", "offset_y_um", "tracker_radial", "hv_kv")) {
  point <- tapply(log[[name]], log$day, mean)
  day <- as.POSIXct(names(point), tz = "UTC")
  base <- point[1:60]
  centre <- mean(base)
  sigma <- mean(abs(diff(base))) / (2 / sqrt(pi))
  z <- (point - centre) / sigma
  high <- Reduce(function(c, z) max(0, c + z - 0.5), z, accumulate = TRUE, 0)[-1]
  low <- Reduce(function(c, z) max(0, c - z - 0.5), z, accumulate = TRUE, 0)[-1]
  plot(log$at, log[[name]], pch = ".", col = "grey", main = name)
  lines(day, point)
  abline(h = centre + c(-3, 0, 3) * sigma)
  plot(day[-1], abs(diff(point)), type = "l")
  plot(day, high, type = "l", ylim = range(high, -low))
  lines(day, -low)
}
invisible(dev.off())
