"""The one error that is an answer."""


class NotDoneError(Exception):
    """What was asked for was not done and nothing was changed; the message says why, and what to do instead."""
