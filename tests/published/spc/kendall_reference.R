# Reference values for Kendall's test, from base R's cor.test:
#   Rscript tests/published/spc/kendall_reference.R
# Its output stands as constants in kendall.c beside this file.
report <- function(name, value, exact, continuity) {
  test <- suppressWarnings(cor.test(seq_along(value), value, method = "kendall", exact = exact,
                                    continuity = continuity))
  cat(sprintf("%s: n %d, tau %.12g, p %.12g\n", name, length(value), test$estimate, test$p.value))
}

report("forecast example", c(6.4, 5.6, 7.8, 8.8, 11.0, 11.6, 16.7, 15.3, 21.6, 22.4), TRUE, FALSE)
report("eight values", c(2.1, 1.9, 2.6, 2.2, 3.1, 2.4, 3.0, 3.6), TRUE, FALSE)
report("falling three", c(3, 2, 1), TRUE, FALSE)
# Fixed orders without ties: i -> 17 i mod a prime, each number once; half of them moved up.
mixed <- function(n, prime) (17 * seq_len(n)) %% prime + ifelse(seq_len(n) > n / 2, prime / 4, 0)
report("forty", mixed(40, 41), TRUE, FALSE)
report("forty-one", mixed(41, 43), FALSE, TRUE)
report("hundred", mixed(100, 101), FALSE, TRUE)
report("ties", c(1, 1, 2, 3, 3, 3, 2, 4, 5, 5), FALSE, TRUE)
report("few levels", (7 * (1:60)) %% 5 + (1:60) %/% 20, FALSE, TRUE)
report("Nile", as.numeric(Nile), FALSE, TRUE)
