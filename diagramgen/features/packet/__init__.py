"""The packet of a job: all its sheets in one PDF behind a front page with contents."""
