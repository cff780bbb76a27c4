"""Pictures and paper from a computed answer: section, plate, template, fitter's sheet. Pure; no web library."""
