# The table of src/spc/spc_step_table.h: what the largest F of a step at any date does to values
# that don't change, and the step that it finds with a probability of 0.8. By simulation:
#   Rscript tests/published/spc/step_table.R        (about ten minutes)
#
# For n independent normal values F is taken at each split that leaves two values or more on
# either side. p1 is the p of one F at a split known beforehand, F(1, n - 2); the p of the largest F
# is written as 1 - (1 - p1)^m, and m, the number of independent splits that this amounts to, is
# tabulated over n and p1. The last two columns are the noncentrality sqrt(n)/2 d of a step of d
# sigma in the middle that is found with a probability of 0.8: at p under 0.01, and under 0.005. The
# very last one of the table in use is of a run with set.seed(20260818) and 8e5, 2e5 and 6e4 runs in
# place of 2e6, 6e5 and 3e5 (n = 1000: seed 20260819, 4e4 runs): within 1 % of this one (2 % at n = 4).
set.seed(20260817)
sizes <- c(4, 5, 6, 7, 8, 10, 12, 16, 20, 25, 32, 40, 50, 64, 80, 100, 140, 200, 320, 500, 1000)
levels <- c(0.2, 0.1, 0.03, 0.01, 0.003, 0.001, 3e-4, 1e-4)

# Largest share of the sum of squares that a split explains, one for each column; step: added to
# the second half.
largest <- function(value, step) {
  n <- nrow(value)
  later <- seq_len(n) > n %/% 2
  value[later, ] <- value[later, ] + step
  centred <- value - rep(colMeans(value), each = n)
  total <- colSums(centred^2)
  sum <- centred[1, ]
  best <- numeric(ncol(value))
  for (k in 2:(n - 2)) {
    sum <- sum + centred[k, ]
    best <- pmax(best, sum^2 * (n / (k * (n - k))))
  }
  best / total
}

for (n in sizes) {
  runs <- if (n <= 64) 2e6 else if (n <= 320) 6e5 else 3e5
  chunk <- max(1000, floor(2e6 / n))
  limits <- qf(levels, 1, n - 2, lower.tail = FALSE)
  shares <- limits / (limits + n - 2)
  all <- unlist(lapply(seq_len(ceiling(runs / chunk)), function(i)
    largest(matrix(rnorm(n * chunk), n), 0)))
  p <- sapply(shares, function(s) mean(all > s))
  m <- log1p(-p) / log1p(-levels)

  small <- min(40000, floor(8e6 / n))
  value <- matrix(rnorm(n * small), n)
  shift <- sapply(quantile(all, c(0.99, 0.995)), function(critical) {
    found <- function(c) mean(largest(value, c * 2 / sqrt(n)) > critical) - 0.8
    uniroot(found, c(3, 60), tol = 1e-4)$root
  })
  cat(sprintf("    {%4d, {%s}, {%.3f, %.3f}},\n", n, paste(sprintf("%.3f", m), collapse = ", "),
              shift[1], shift[2]))
}
