"""Pictures as files: what was sent, looked at by its content and made into what is kept."""
