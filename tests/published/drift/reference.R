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
