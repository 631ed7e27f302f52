"""The one address on the web that a book may name: its own."""

from typing import Annotated
from urllib.parse import urlsplit

from pydantic import PlainValidator, WithJsonSchema

from thirdstop.book.fields import TEXT_MOST, parse_line
from thirdstop.book.grammar import QuantityError

EXAMPLE = "https://example.org/book/"


def parse_address(given: object) -> str:
    """'https://example.org/book/': a page of the web, nothing that a browser would run."""
    text = parse_line(given, "an address", TEXT_MOST)
    try:
        parts = urlsplit(text)
        named = parts.scheme in ("http", "https") and bool(parts.hostname) and parts.port != 0
    except ValueError:
        named = False
    if not named or not text.isascii() or any(sign in text for sign in " \"'<>\\^`{|}"):
        raise QuantityError("an address begins with https:// and holds no spaces or quotes", EXAMPLE)
    return text


AddressField = Annotated[
    str,
    PlainValidator(parse_address),
    WithJsonSchema({"type": "string", "title": "Address", "pattern": "^ *https?://", "examples": [EXAMPLE]}),
]
