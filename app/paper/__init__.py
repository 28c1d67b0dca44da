"""What leaves the program as a file of a common form: comma-separated values, calendars. Pure functions, no I/O."""
