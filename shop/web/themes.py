"""In which light the screen is read; kept on the device only."""

THEMES = [("day", "Day"), ("night", "Night bay"), ("sun", "Full sun")]
