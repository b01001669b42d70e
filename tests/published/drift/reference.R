# Reference values for levels, trend, change, before and after, covariates: base R.
#   Rscript tests/published/drift/reference.R
# Its output stands as constants in the tests of this folder.
show <- function(name, ...) cat(name, ": ", paste(sprintf("%.12g", c(...)), collapse = ", "), "\n", sep = "")

# Levels of fills at age 1.5: predict() of the same model as slope_reference.R.
age <- c(0.3, 1.3, 2.3, 0.1, 1.0, 2.2, 3.1, 0.5, 1.4, 0.2, 1.2, 2.1, 3.0, 0.0, 0.9, 2.0)
value <- c(1.6131, 1.6108, 1.6021, 1.6172, 1.6119, 1.6090, 1.6009, 1.6102, 1.6088,
           1.6143, 1.6098, 1.6037, 1.6029, 1.6095, 1.6077, 1.6011)
fill <- factor(c(0, 0, 0, 1, 1, 1, 1, 2, 2, 3, 3, 3, 3, 5, 5, 5))
fit <- lm(value ~ 0 + fill + age)
level <- predict(fit, data.frame(fill = factor(levels(fill)), age = 1.5), se.fit = TRUE)
show("levels", level$fit)
show("level se", level$se.fit)
show("sigma, df", level$residual.scale, level$df)
own <- coef(summary(lm(value ~ age, subset = fill == "1")))["age", ]
show("own slope of fill 1 and se", own[1:2])

# Kendall's p of the Theil-Sen example and of the Nile, and the Nile's median slope.
x <- c(1, 2, 3, 5, 8, 9, 12, 14)
y <- c(2.1, 1.9, 2.6, 2.2, 3.1, 2.4, 3.0, 3.6)
show("example p exact", cor.test(x, y, method = "kendall", exact = TRUE)$p.value)
nile <- as.numeric(Nile)
pairs <- combn(100, 2)
slopes <- sort((nile[pairs[2, ]] - nile[pairs[1, ]]) / (pairs[2, ] - pairs[1, ]))
show("Nile slope", median(slopes))
show("Nile p", cor.test(1:100, nile, method = "kendall", exact = FALSE, continuity = TRUE)$p.value)

# The Nile's step and hinge: every step by lm, every onset by lm on a fine grid, then optimize().
n <- 100
year <- 1871:1970
ratio <- function(x) n * log(sum(lm(nile ~ 1)$residuals^2) / sum(lm(nile ~ x)$residuals^2))
steps <- sapply(2:98, function(k) ratio(as.numeric(1:n > k)))
show("step after value, LR", which.max(steps) + 1, max(steps))
hinge <- function(onset) ratio(pmax(0, year - onset))
show("hinge at 1872 and the year after, LR", hinge(1872), hinge(1873))

# Two hinges of other data sets: airmiles by year, dist by speed of cars (several of one speed).
report <- function(name, day, value) {
  n <- length(value)
  ratio <- function(onset) {
    fit <- lm(value ~ pmax(0, day - onset))
    n * log(sum(lm(value ~ 1)$residuals^2) / sum(fit$residuals^2))
  }
  distinct <- sort(unique(day))
  grid <- seq(sort(day)[2], distinct[length(distinct) - 2], by = 0.01)
  ratios <- sapply(grid, ratio)
  at <- which.max(ratios)
  best <- optimize(ratio, grid[at] + c(-0.01, 0.01), maximum = TRUE, tol = 1e-11)
  fit <- lm(value ~ pmax(0, day - best$maximum))
  now <- predict(fit, data.frame(day = max(day)), se.fit = TRUE)
  show(paste(name, "onset, LR"), best$maximum, best$objective)
  show(paste(name, "mean, slope"), coef(fit))
  show(paste(name, "now, low, high"), now$fit + c(0, -1, 1) * qt(0.975, n - 3) *
         now$se.fit * sqrt((n - 2) / (n - 3)))
}
report("airmiles", as.numeric(1937:1960), as.numeric(airmiles))
report("cars", cars$speed, cars$dist)

# Bands of dates by their definition: lm of every step, of hinges from each value's day and three
# points between, of every slope from one day to another with a day between. Largest LR, the date
# of the best slope that ends, first and last date within 8.5 of the largest.
band <- function(name, day, value) {
  n <- length(value)
  total <- sum(lm(value ~ 1)$residuals^2)
  ratio <- function(x) n * log(total / sum(lm(value ~ x)$residuals^2))
  distinct <- sort(unique(day))
  starts <- distinct[distinct >= sort(day)[2] & distinct <= distinct[length(distinct) - 2]]
  quarters <- sort(unique(c(starts, head(starts, -1) + outer(diff(starts), 1:3 / 4))))
  after <- distinct[sapply(distinct, function(d) sum(day < d) >= 2 && sum(day >= d) >= 2)]
  slopes <- sapply(starts, function(t) {
    ends <- starts[starts > t][-1]
    max(0, vapply(ends, function(e) ratio(pmin(pmax(0, day - t), e - t)), 0))
  })
  dates <- c(after, quarters, starts)
  ratios <- c(sapply(after, function(d) ratio(as.numeric(day >= d))),
              sapply(quarters, function(t) ratio(pmax(0, day - t))), slopes)
  show(paste(name, "largest, best slope, band"), max(ratios), starts[which.max(slopes)],
       range(dates[ratios >= max(ratios) - 8.5]))
}
band("Nile", year, nile)
band("airmiles", as.numeric(1937:1960), as.numeric(airmiles))
band("cars", cars$speed, cars$dist)

# Forecast: days at which a hinge's line may meet a limit, by profile likelihood over its onset.
i <- 0:119
day <- 7 * (i %/% 5) + i %% 5
value <- 1 - 0.0003 * pmax(0, day - 80.4) + 0.012 * ((i * i * 7 + 3 * i) %% 23 / 23 - 0.5)
limit <- 0.95 + 0.002
n <- length(i)
rss <- function(onset) sum(lm(value ~ pmax(0, day - onset))$residuals^2)
free <- optimize(rss, c(40, 120), tol = 1e-11)
meeting <- function(at) {
  through <- function(onset)
    sum(lm(I(value - limit) ~ 0 + I(pmax(0, day - onset) - (at - onset)))$residuals^2)
  grid <- seq(1, 163, by = 1)
  best <- grid[which.min(sapply(grid, through))]
  n * log(optimize(through, best + c(-1, 1), tol = 1e-11)$objective / free$objective)
}
fit <- lm(value ~ pmax(0, day - free$minimum))
mean_at <- free$minimum + (limit - coef(fit)[1]) / coef(fit)[2]
bound <- function(at) meeting(at) - qchisq(0.95, 1)
show("forecast: onset, slope, mean at", free$minimum, coef(fit)[2], mean_at)
show("forecast: set", uniroot(bound, c(max(day) + 1, mean_at), tol = 1e-8)$root,
     uniroot(bound, c(mean_at, mean_at + 400), tol = 1e-8)$root)

# Before and after: the sleep data and the Nile.
one <- sleep$extra[sleep$group == 1]
two <- sleep$extra[sleep$group == 2]
welch <- t.test(one, two)
show("sleep t, df, p, low, high", welch$statistic, welch$parameter, welch$p.value, welch$conf.int)
ratio <- var.test(one, two)
show("sleep ratio, low, high, p", ratio$estimate, ratio$conf.int, ratio$p.value)
spread <- function(a, b) {
  away <- c(abs(a - median(a)), abs(b - median(b)))
  side <- factor(rep(1:2, c(length(a), length(b))))
  anova(lm(away ~ side))[1, "Pr(>F)"]
}
show("sleep spread p", spread(one, two))
welch <- t.test(nile[29:100], nile[1:28])
show("Nile diff, se, df, low, high", diff(rev(welch$estimate)), welch$stderr, welch$parameter,
     welch$conf.int)
ratio <- var.test(nile[29:100], nile[1:28])
show("Nile ratio, low, high", ratio$estimate, ratio$conf.int)
show("Nile spread p", spread(nile[1:28], nile[29:100]))

# A covariate beside a trend: wind and temperature of the first 40 days of airquality.
wind <- head(airquality$Wind, 40)
days <- seq_along(wind)
fit <- lm(wind ~ days + head(airquality$Temp, 40))
show("effect slope, se, low, high, p", coef(summary(fit))[3, 1:2], confint(fit)[3, ],
     coef(summary(fit))[3, 4])
