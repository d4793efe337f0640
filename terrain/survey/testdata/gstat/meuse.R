# Kriging of the Meuse heights by gstat, to hold ours against.
# Rscript meuse.R, in this folder, writes kriging.csv and leave-one-out.csv.
suppressMessages({library(sp); library(gstat)})
meuse <- read.csv("../../../../testdata/meuse/meuse.csv")
coordinates(meuse) <- ~ x + y
at <- data.frame(x = c(181180, 180940, 179660, 178820, 179220, 179000, 180000, 181000),
                 y = c(333740, 333300, 331860, 330740, 329620, 330000, 331000, 332500))
coordinates(at) <- ~ x + y
round <- vgm(0.8603, "Sph", 1573.3, 0.6269)
long <- vgm(0.8603, "Sph", 1573.3, 0.6269, anis = c(30, 0.4))
exponential <- vgm(0.9, "Exp", 300, 0.2, anis = c(120, 0.6))
out <- NULL
left <- NULL
for (case in list(list("level", z ~ 1, round), list("plane", z ~ x + y, round),
                  list("long", z ~ 1, long), list("exponential", z ~ 1, exponential))) {
  k <- krige(case[[2]], meuse, at, case[[3]], debug.level = 0)
  out <- rbind(out, data.frame(case = case[[1]], coordinates(at), prediction = k$var1.pred, variance = k$var1.var))
  cv <- krige.cv(case[[2]], meuse, case[[3]], nfold = nrow(meuse), verbose = FALSE, debug.level = 0)
  left <- rbind(left, data.frame(case = case[[1]], rmse = sqrt(mean(cv$residual^2)), msdr = mean(cv$zscore^2)))
}
options(digits = 12)
write.csv(format(out, digits = 12, trim = TRUE), "kriging.csv", row.names = FALSE, quote = FALSE)
write.csv(format(left, digits = 12, trim = TRUE), "leave-one-out.csv", row.names = FALSE, quote = FALSE)
