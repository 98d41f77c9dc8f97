"""The plain words of results."""

ACCEPTED = "accepted as written"
