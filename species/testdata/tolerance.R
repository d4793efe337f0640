# Probabilities and quantiles of days, from R's own log-normal distribution, for
# TestToleranceAgreesWithR. Each stretch of a tolerance is a log-normal of its own:
# tails of spread 0.5 through low and high, and one spread on either side of likely.
#
#   Rscript tolerance.R > tolerance.csv      made with R 4.2.2
q <- qnorm(0.9)
tail <- 0.5
stretch <- function(z, d) {
  if (z < -q) c(log(d[1]) + q * tail, tail)
  else if (z < 0) c(log(d[2]), (log(d[2]) - log(d[1])) / q)
  else if (z < q) c(log(d[2]), (log(d[3]) - log(d[2])) / q)
  else c(log(d[3]) - q * tail, tail)
}
cat("low,likely,high,p,days\n")
for (d in list(c(0.25, 1, 2), c(3, 4, 7), c(4, 14, 45), c(121, 180, 365)))
  for (p in c(1e-6, 0.001, 0.02, 0.0999, 0.25, 0.4, 0.55, 0.7, 0.85, 0.9001, 0.97, 0.9999)) {
    s <- stretch(qnorm(p), d)
    x <- qlnorm(p, s[1], s[2])
    stopifnot(abs(plnorm(x, s[1], s[2]) - p) < 1e-12)
    cat(sprintf("%g,%g,%g,%g,%.15g\n", d[1], d[2], d[3], p, x))
  }
