"""Stock bars: what is cut from which bar. Whole micrometres throughout; the solver is loaded by `solve` alone."""
