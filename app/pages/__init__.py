"""HTTP: one module a page, thin; templates/ mirrors it."""
