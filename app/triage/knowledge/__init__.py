"""What each fault looks like: P(outcome | suspect, layout facts), one file a sign, in a fitter's grades."""
