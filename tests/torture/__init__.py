"""A phone's outbox in the worst weather we can make: real browsers, a real server, a proxy that breaks things."""
