# Reference run lengths by base R, by other means than the program's own:
#   Rscript tests/published/spc/run_length_reference.R > tests/published/spc/run_length_reference.h
# (from the top folder) and clang-format -i on that. Zone rules: zone_chain.R.
# CUSUM and EWMA: the integral equation for the mean by Simpson's rule and a linear solver; exact
# limits of the EWMA by carrying the density on while they widen.
options(digits = 15)

source("tests/published/spc/zone_chain.R")

# ---- Integral equations -------------------------------------------------------------------------
simpson <- function(from, to, n) {               # n odd
  list(at = seq(from, to, length.out = n),
       weight = (to - from) / (n - 1) / 3 * c(1, rep(c(4, 2), (n - 3) / 2), 4, 1))
}

# Mean of one side of a CUSUM from each start.
side_arl <- function(k, h, shift, starts) {
  q <- simpson(0, h, 601)
  n <- length(q$at)
  kernel <- function(s) cbind(outer(s, q$at, function(s, y) dnorm(y + k - s - shift)) *
                                rep(q$weight, each = length(s)), pnorm(k - s - shift))
  # Unknown: the mean at the points, then at 0 (where a sum rests).
  all <- c(q$at, 0)
  mean <- solve(diag(n + 1) - kernel(all), rep(1, n + 1))
  drop(1 + kernel(starts) %*% mean)
}

cusum_arl <- function(k, h, u, shift) {
  up <- side_arl(k, h, shift, c(0, u * h))
  down <- side_arl(k, h, -shift, c(0, u * h))
  (up[2] * down[1] + down[2] * up[1] - up[1] * down[1]) / (up[1] + down[1])
}

ewma_arl <- function(lambda, limit, exact, shift) {
  widest <- limit * sqrt(lambda / (2 - lambda))
  step <- function(x, y) dnorm((y - (1 - lambda) * x) / lambda - shift) / lambda
  q <- simpson(-widest, widest, 601)
  kernel <- function(x) outer(x, q$at, step) * rep(q$weight, each = length(x))
  mean <- solve(diag(601) - kernel(q$at), rep(1, 601))
  if (!exact) return(drop(1 + kernel(0) %*% mean))
  total <- 0
  alive <- 1
  density <- NULL
  i <- 0
  repeat {                                       # total: sum of survival so far
    total <- total + alive
    i <- i + 1
    width <- widest * sqrt(1 - (1 - lambda)^(2 * i))
    r <- simpson(-width, width, 601)
    new <- if (is.null(density)) step(0, r$at)
      else drop(crossprod(outer(old$at, r$at, step), old$weight * density))
    density <- new
    old <- r
    alive <- sum(r$weight * density)
    if ((1 - lambda)^(2 * i) < 1e-13) break
  }
  total + sum(old$weight * density * approx_at(q, mean, old$at))
}
# The widest limits are reached: the two sets of points are the same but for rounding.
approx_at <- function(q, mean, at) {
  stopifnot(max(abs(q$at - at)) < 1e-9)
  mean
}

# ---- The header ---------------------------------------------------------------------------------
cat("/* Written by run_length_reference.R beside it: base R, by other means than the program's. */\n")
cat("#ifndef RUN_LENGTH_REFERENCE_H\n#define RUN_LENGTH_REFERENCE_H\n\n#include \"beamtally/spc.h\"\n\n")
cat("static const struct {\n  bt_run_chart chart;\n  double shift, arl;\n} run_length_reference[] = {\n")
for (rules in list(1, 2, 3, 4, c(1, 2), c(2, 3), c(1, 4), c(1, 2, 3), c(2, 3, 4), 1:4)) {
  nexts <- build(rules)
  for (shift in c(0, 0.7, -1.6))
    cat(sprintf("    {{.rules = %d}, %g, %.10g},\n", sum(2^(rules - 1)), shift,
                rules_arl(nexts, shift)))
}
for (row in list(c(0.5, 4, 0), c(0.5, 5, 0.5), c(0.25, 8, 0.5), c(1, 2.5, 0), c(0.4, 6.3, 0.3)))
  for (shift in c(0, 0.4, -1.3))
    cat(sprintf("    {{.method = BT_RUN_OF_CUSUM, .k = %g, .h = %g, .headstart = %g}, %g, %.10g},\n",
                row[1], row[2], row[3], shift, cusum_arl(row[1], row[2], row[3], shift)))
for (row in list(c(0.1, 2.7), c(0.2, 2.962), c(0.4, 3.1), c(0.75, 2.5)))
  for (exact in c(FALSE, TRUE))
    for (shift in c(0, 0.6, -1.5))
      cat(sprintf(paste0("    {{.method = BT_RUN_OF_EWMA, .lambda = %g, .limit = %g, ",
                         ".constant_limits = %s}, %g, %.10g},\n"),
                  row[1], row[2], if (exact) "false" else "true", shift,
                  ewma_arl(row[1], row[2], exact, shift)))
cat("};\n\n#endif\n")
