# Reference values for the within-fill slope, from base R's lm:
#   Rscript tests/published/drift/slope_reference.R
# Its output stands as constants in slope.c beside this file.
age <- c(0.3, 1.3, 2.3, 0.1, 1.0, 2.2, 3.1, 0.5, 1.4, 0.2, 1.2, 2.1, 3.0, 0.0, 0.9, 2.0, 0.4)
value <- c(1.6131, 1.6108, 1.6021, 1.6172, 1.6119, 1.6090, 1.6009, 1.6102, 1.6088,
           1.6143, 1.6098, 1.6037, 1.6029, 1.6095, 1.6077, 1.6011, 1.6064)
stretch <- factor(c(0, 0, 0, 1, 1, 1, 1, 2, 2, 3, 3, 3, 3, 5, 5, 5, 6))

report <- function(name, value, use) {
  fit <- lm(value ~ 0 + stretch + age, subset = use)
  row <- coef(summary(fit))["age", ]
  interval <- confint(fit, "age")
  cat(sprintf("%s: df %d, per_day %.12g, se %.12g, t %.12g, low %.12g, high %.12g\n", name,
              fit$df.residual, row["Estimate"], row["Std. Error"], row["t value"],
              interval[1], interval[2]))
}

report("all", value, seq_along(age))
report("nearly level", value + 0.0045 * age, seq_along(age))
report("without the sixth", value, seq_along(age)[-6])
