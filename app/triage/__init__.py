"""Signs, the knowledge table, priors, posterior, the next check. Pure."""
