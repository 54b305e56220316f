"""A place in the text, moving one way only: what makes reading take time in line with length."""

import re


class Cursor:
    """The text being read and how far reading has come."""

    def __init__(self, text: str, at: int = 0) -> None:
        self.text = text
        self.at = at

    @property
    def rest(self) -> str:
        """What is not yet read."""
        return self.text[self.at :]

    @property
    def done(self) -> bool:
        """Whether nothing but blanks is left."""
        return not self.rest.strip(" ")

    def blanks(self) -> None:
        """Step over blanks."""
        while self.text.startswith(" ", self.at):
            self.at += 1

    def take(self, pattern: re.Pattern[str]) -> re.Match[str] | None:
        """Step over what ``pattern`` matches here and return the match; else stay: None."""
        found = pattern.match(self.text, self.at)
        if found is not None:
            self.at = found.end()
        return found

    def sees(self, pattern: re.Pattern[str]) -> bool:
        """Whether ``pattern`` matches here."""
        return pattern.match(self.text, self.at) is not None
