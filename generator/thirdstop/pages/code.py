"""A page's web address as a QR code (ISO/IEC 18004): the only module that knows segno."""

from markupsafe import Markup

from thirdstop.pages.rendering import markup

QUIET_MODULES = 4
"""The quiet zone that the standard asks for round a code, in modules."""


def web_address(book_address: str, path: str) -> str:
    """Where a page of the book stands on the web; the book's address may name its first page."""
    folder, _, last = book_address.rpartition("/")
    base = folder if last.endswith(".html") else book_address.rstrip("/")
    return f"{base}/{path}"


def qr_code(text: str) -> Markup:
    """Black on white, error correction M, with its quiet zone; its size is left to the page's style."""
    import segno

    code = segno.make(text, error="m", micro=False)
    svg = code.svg_inline(border=QUIET_MODULES, dark="#000", light="#fff", omitsize=True, svgclass="qr-code")
    # the line under it says the same in words
    return markup(svg.replace("<svg ", '<svg aria-hidden="true" ', 1))
