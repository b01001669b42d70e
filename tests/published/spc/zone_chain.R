# The zone rules as a chain over what the last points were, nothing of it forgotten that a rule asks
# for; base R, for the reference scripts beside this file.
# A point's zone: 1..4 above the centre, counted outwards, -1..-4 below. A state: the last four zones
# and how many of the last points in a row lie on one side (with its sign).
zones <- c(1:4, -(1:4))

signals <- function(rules, past, run, zone) {
  side <- sign(zone)
  recent <- c(zone, rev(past)) * side            # newest first, counted towards its side
  (1 %in% rules && abs(zone) == 4) ||
    (2 %in% rules && abs(zone) >= 3 && sum(head(recent, 3) >= 3) >= 2) ||
    (3 %in% rules && abs(zone) >= 2 && sum(head(recent, 5) >= 2) >= 4) ||
    (4 %in% rules && run * side >= 7)
}

build <- function(rules) {
  # What no rule in force asks for is not remembered.
  keep <- function(past, run) {
    past <- if (3 %in% rules) tail(past, 4) else if (2 %in% rules) tail(past, 2) else integer(0)
    if (!(2 %in% rules)) past <- sign(past) * pmin(abs(past), 2)
    if (!(3 %in% rules)) past <- ifelse(abs(past) >= 3, sign(past) * 3, 1)
    past <- sign(past) * pmin(abs(past), 3)
    list(past = past, run = if (4 %in% rules) run else 0)
  }
  name <- function(s) paste(c(s$run, s$past), collapse = " ")
  index <- new.env()
  states <- list(list(past = integer(0), run = 0))
  assign(name(states[[1]]), 1L, envir = index)
  nexts <- list()
  at <- 1
  while (at <= length(states)) {
    s <- states[[at]]
    row <- integer(8)
    for (z in seq_along(zones)) {
      zone <- zones[z]
      if (signals(rules, s$past, s$run, zone)) next
      run <- if (sign(zone) == sign(s$run)) s$run + sign(zone) else sign(zone)
      to <- keep(c(s$past, zone), run)
      key <- name(to)
      if (!exists(key, envir = index, inherits = FALSE)) {
        states[[length(states) + 1]] <- to
        assign(key, length(states), envir = index)
      }
      row[z] <- get(key, envir = index)
    }
    nexts[[at]] <- row
    at <- at + 1
  }
  do.call(rbind, nexts)
}

# Step probabilities of the eight zones.
zone_p <- function(shift) {
  edges <- c(0, 1, 2, 3, Inf)
  c(diff(pnorm(edges - shift)), diff(pnorm(edges + shift)))
}

# P(no signal in n points), n = 0, 1, ...
rules_alive <- function(nexts, shift) {
  p <- zone_p(shift)
  mass <- c(1, numeric(nrow(nexts) - 1))
  alive <- 1
  to <- factor(nexts, levels = seq_len(nrow(nexts)))
  repeat {
    moved <- tapply(as.vector(outer(mass, p)), to, sum)
    mass <- ifelse(is.na(moved), 0, moved)
    alive <- c(alive, sum(mass))
    if (sum(mass) < 1e-13) return(alive)
  }
}

rules_arl <- function(nexts, shift) {
  p <- zone_p(shift)
  mean <- c(rep(1, nrow(nexts)), 0)              # the last one: a signal
  nexts[nexts == 0] <- nrow(nexts) + 1
  repeat {
    new <- 1
    for (z in 1:8) new <- new + p[z] * mean[nexts[, z]]
    step <- new[1] - mean[1]
    mean <- c(new, 0)
    if (abs(step) < 1e-13 * mean[1]) return(mean[1])
  }
}
