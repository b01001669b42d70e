# Reference values for the variation between days, from base R's lm and anova:
#   Rscript tests/published/spc/between_reference.R
# Its output stands as constants in between.c beside this file.
value <- c(1.612, 1.609, 1.615, 1.604, 1.607, 1.611, 1.611, 1.613, 1.610, 1.618, 1.602, 1.605,
           1.603, 1.609)
day <- c(0, 0, 0, 1, 1, 2, 3, 3, 3, 3, 7, 7, 7, 9)

report <- function(name, use) {
  table <- anova(lm(value[use] ~ factor(day[use])))
  cat(sprintf("%s: df %d and %d, F %.12g, p %.12g\n", name, table$Df[1], table$Df[2],
              table[["F value"]][1], table[["Pr(>F)"]][1]))
}

report("all", seq_along(day))
report("without the last three", 1:11)
report("two days", 1:5)

sleep_table <- anova(lm(extra ~ group, data = sleep))
cat(sprintf("sleep: F %.12g, p %.12g\n", sleep_table[["F value"]][1], sleep_table[["Pr(>F)"]][1]))
