"""Words as the tables' look-ups compare them."""


def plain_words(text: str) -> str:
    """Return words in small letters, parted by single blanks: no case, comma or hyphen tells.

    >>> plain_words("Anti-seize, Nickel")
    'anti seize nickel'
    """
    return " ".join(text.casefold().replace(",", " ").replace("-", " ").split())
