"""Which of the usual wirings an instrument was found with, from readings at the plug."""
