# Coefficients alone of the fit that fit_bench wrote, by R's .lm.fit (Householder QR, LINPACK).
#
#   Rscript fit_peers.R DIR [REPEAT]
#
# Prints one JSON line: {"name", "us_per_fit"}.
arguments <- commandArgs(trailingOnly = TRUE)
folder <- arguments[1]
repeats <- if (length(arguments) > 1) as.integer(arguments[2]) else 15L
design <- unname(as.matrix(read.csv(file.path(folder, "design.csv"), header = FALSE)))
response <- read.csv(file.path(folder, "response.csv"), header = FALSE)[[1]]

fits_each <- 300000L %/% length(response)
once <- function() {
  start <- proc.time()[["elapsed"]]
  for (k in seq_len(fits_each)) .lm.fit(design, response)
  (proc.time()[["elapsed"]] - start) / fits_each * 1e6
}
invisible(once()) # warms up
times <- vapply(seq_len(repeats), function(k) once(), 0)
cat(sprintf('{"name": "R .lm.fit", "us_per_fit": %.3f}\n', median(times)))
