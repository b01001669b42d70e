# Reference values of the charts by base R, by other means than the program's own:
#   Rscript tests/published/spc/charts_reference.R > tests/published/spc/charts_reference.h
# (from the top folder) and clang-format -i on that.
# Constants from ptukey and closed forms; limits of T² from R's quantiles; quantiles of a radius by
# integrating over one axis what the other one leaves; intervals of capability from R's quantiles;
# run lengths of one side of a CUSUM and of an EWMA by carrying the density of the sum on, point by
# point, with Simpson's rule, of zone rules by carrying on the chain of zone_chain.R.
options(digits = 15)
source("tests/published/spc/zone_chain.R")

row <- function(...) cat("    {", paste(sprintf("%.12g", c(...)), collapse = ", "), "},\n", sep = "")
table <- function(name, fields) cat("static const struct {\n  double ", fields, ";\n} ", name,
                                          "[] = {\n", sep = "")
end <- function() cat("};\n\n")

cat("/* Written by charts_reference.R beside it: base R, by other means than the program's. */\n")
cat("#ifndef CHARTS_REFERENCE_H\n#define CHARTS_REFERENCE_H\n\n#include \"beamtally/spc.h\"\n\n")

# ---- Constants: the range's distribution is R's ptukey with known sigma ---------------------------
table("constants_reference", "n, d2, d3, c4")
for (n in c(2:10, 15, 20, 25)) {
  beyond <- function(w) ptukey(w, n, Inf, lower.tail = FALSE)
  d2 <- integrate(beyond, 0, 12, rel.tol = 1e-9, subdivisions = 500)$value
  square <- integrate(function(w) 2 * w * beyond(w), 0, 12, rel.tol = 1e-9, subdivisions = 500)$value
  row(n, d2, sqrt(square - d2^2), sqrt(2 / (n - 1)) * exp(lgamma(n / 2) - lgamma((n - 1) / 2)))
}
end()

# ---- T² of two components -------------------------------------------------------------------------
table("t2_reference", "m, pooled1, pooled2, differences1, differences2")
for (m in c(8, 12, 20, 30, 50, 100)) {
  f <- 2 * (m - 1)^2 / (3 * m - 4)
  row(m, (m - 1)^2 / m * qbeta(1 - 0.0027, 1, (m - 3) / 2),
      2 * (m + 1) * (m - 1) / (m * (m - 2)) * qf(1 - 0.0027, 2, m - 2), qchisq(1 - 0.0027, 2),
      (m + 1) / m * 2 * f / (f - 1) * qf(1 - 0.0027, 2, f - 1))
}
end()

# ---- Quantiles of a radius ------------------------------------------------------------------------
# Given x, y is normal about its regression on x.
within <- function(r, mx, my, vx, vy, cov) {
  slope <- cov / vx
  left <- sqrt(vy - cov^2 / vx)
  integrate(function(x) {
    y <- sqrt(pmax(0, r^2 - x^2))
    middle <- my + slope * (x - mx)
    dnorm(x, mx, sqrt(vx)) * (pnorm((y - middle) / left) - pnorm((-y - middle) / left))
  }, max(-r, mx - 9 * sqrt(vx)), min(r, mx + 9 * sqrt(vx)), rel.tol = 1e-11, subdivisions = 2000)$value
}
table("radius_reference", "mean_x, mean_y, var_x, var_y, cov_xy, probability, quantile")
for (case in list(c(2, -1, 9, 4, 2), c(0, 0, 1, 25, 0), c(0, 0, 4, 9, -5), c(-14, 6, 30, 55, 12),
                  c(40, 0, 20, 20, 0), c(3, 3, 2, 1, 1.3)))
  for (p in c(0.5, 0.95, 0.9973)) {
    found <- uniroot(function(r) within(r, case[1], case[2], case[3], case[4], case[5]) - p,
                     c(0.01, 200), tol = 1e-12)$root
    row(case, p, found)
  }
# Rice by R's noncentral chi-square.
for (case in list(c(3, 2, 0.99), c(5, 6, 0.9973), c(0.5, 4, 0.5)))
  row(case[1], 0, case[2]^2, case[2]^2, 0, case[3],
      case[2] * sqrt(qchisq(case[3], 2, ncp = (case[1] / case[2])^2)))
end()

# ---- Capability -----------------------------------------------------------------------------------
table("capability_reference",
      "n, low, high, mean, s, sigma, df, pp_low, pp_high, ppk_low, ppk_high, cp_low, cp_high, cpk_low, cpk_high")
for (case in list(c(20, 0, 13, 6, 1.4, 1.3, 11.685), c(60, 0.96, 1.04, 1.003, 0.0041, 0.0038, 35.9),
                  c(200, -5, 5, 6, 2, 1.9, 120))) {
  n <- case[1]; tolerance <- case[3] - case[2]; room <- min(case[3] - case[4], case[4] - case[2])
  both <- function(sigma, nu) {
    width <- tolerance / (6 * sigma)
    near <- room / (3 * sigma)
    half <- qnorm(0.975) * sqrt(1 / (9 * n) + near^2 / (2 * nu))
    c(width * sqrt(qchisq(c(0.025, 0.975), nu) / nu), near - half, near + half)
  }
  row(case, both(case[5], n - 1), both(case[6], case[7]))
}
end()

# ---- Whole laws of a run length -------------------------------------------------------------------
simpson <- function(from, to, n) {               # n odd
  list(at = seq(from, to, length.out = n),
       weight = (to - from) / (n - 1) / 3 * c(1, rep(c(4, 2), (n - 3) / 2), 4, 1))
}
# Mean, standard deviation and percentiles from P(no signal in n points), n = 0, 1, ...
moments <- function(alive) {
  n <- seq_along(alive) - 1
  mean <- sum(alive)
  square <- sum((2 * n + 1) * alive)
  c(mean, sqrt(square - mean^2), sapply(c(0.05, 0.25, 0.5, 0.75, 0.95), function(p) which(1 - alive >= p)[1] - 1))
}

cusum_law <- function(k, h, u, shift) {
  q <- simpson(0, h, 401)
  step <- outer(q$at, q$at, function(s, y) dnorm(y + k - s - shift))
  density <- dnorm(q$at + k - u * h - shift)
  rest <- pnorm(k - u * h - shift)
  alive <- 1
  repeat {
    left <- rest + sum(q$weight * density)
    alive <- c(alive, left)
    if (left < 1e-14) return(moments(alive))
    mass <- q$weight * density
    density <- rest * dnorm(q$at + k - shift) + drop(crossprod(step, mass))
    rest <- rest * pnorm(k - shift) + sum(mass * pnorm(k - q$at - shift))
  }
}

ewma_law <- function(lambda, limit, exact, shift) {
  widest <- limit * sqrt(lambda / (2 - lambda))
  step <- function(x, y) dnorm((y - (1 - lambda) * x) / lambda - shift) / lambda
  alive <- 1
  old <- NULL
  kernel <- NULL
  i <- 0
  repeat {
    i <- i + 1
    settled <- !exact || (1 - lambda)^(2 * i) < 1e-14
    q <- simpson(-1, 1, 401)
    width <- widest * if (settled) 1 else sqrt(1 - (1 - lambda)^(2 * i))
    at <- width * q$at
    weight <- width * q$weight
    if (is.null(old)) density <- step(0, at)
    else {
      if (!settled || is.null(kernel)) moved <- outer(old$at, at, step) else moved <- kernel
      if (settled && isTRUE(all.equal(old$at, at, tolerance = 1e-15))) kernel <- moved
      density <- drop(crossprod(moved, old$weight * old$density))
    }
    left <- sum(weight * density)
    alive <- c(alive, left)
    if (left < 1e-14) return(moments(alive))
    old <- list(at = at, weight = weight, density = density)
  }
}

cat("static const struct {\n  bt_run_chart chart;\n  double shift, arl, sdrl;\n  unsigned p[5];\n} law_reference[] = {\n")
law <- function(chart, shift, found)
  cat(sprintf("    {{%s}, %g, %.10g, %.10g, {%s}},\n", chart, shift, found[1], found[2],
              paste(found[3:7], collapse = ", ")))
for (case in list(c(0.5, 3, 0, 0.5), c(0.5, 5, 0.5, 1), c(0.25, 2.5, 0, 0), c(1, 1.5, 0.5, 0.2)))
  law(sprintf(".method = BT_RUN_OF_CUSUM, .one_sided = true, .k = %g, .h = %g, .headstart = %g",
              case[1], case[2], case[3]), case[4], cusum_law(case[1], case[2], case[3], case[4]))
for (case in list(c(0.2, 2.2, 0), c(0.1, 2.7, 0.6), c(0.4, 3.1, -1.5)))
  for (exact in c(FALSE, TRUE))
    law(sprintf(".method = BT_RUN_OF_EWMA, .lambda = %g, .limit = %g, .constant_limits = %s",
                case[1], case[2], if (exact) "false" else "true"), case[3],
        ewma_law(case[1], case[2], exact, case[3]))
for (rules in list(1, 2, c(1, 2), 3, 4, c(1, 4), c(2, 3)))
  for (shift in c(0.8, -1.7))
    law(sprintf(".rules = %d", sum(2^(rules - 1))), shift, moments(rules_alive(build(rules), shift)))
cat("};\n\n#endif\n")
