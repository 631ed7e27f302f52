"""Pages that carry all they need: style, script and font inside, each allowed by its own hash.

Such a file can be sent by message and opened from anywhere; it fetches nothing.
"""

import base64
import hashlib
import json
from dataclasses import dataclass
from functools import cache

from markupsafe import Markup

from thirdstop.pages.rendering import markup
from thirdstop.resources import theme_file

_FONT = "atkinson-hyperlegible-next.woff2"
_TEXT_OF_JSON = str.maketrans({"<": "\\u003c", ">": "\\u003e", "&": "\\u0026"})


@dataclass(frozen=True)
class Alone:
    """What stands in the head of such a page."""

    policy: str
    """Content security policy: this style, this script, this font, and nothing else."""
    style: Markup
    script: Markup


@cache
def alone(theme: str, name: str) -> Alone:
    """Style and script of `templates/alone/NAME.css` and `.js` with the theme's font and drawings' style."""
    font = base64.b64encode(theme_file(theme, f"fonts/{_FONT}").read_bytes()).decode("ascii")
    style = theme_file(theme, f"templates/alone/{name}.css").read_text(encoding="utf-8")
    style = style.replace("url(font)", f'url("data:font/woff2;base64,{font}")')
    style += theme_file(theme, "drawing.css").read_text(encoding="utf-8")
    script = theme_file(theme, f"templates/alone/{name}.js").read_text(encoding="utf-8")
    policy = (
        f"default-src 'none'; style-src {_hash(style)}; script-src {_hash(script)}; font-src data:; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )
    return Alone(policy, markup(style), markup(script))


def data_block(data: object) -> Markup:
    """JSON that can stand in a script element: nothing in it can end the element or begin another."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"), sort_keys=True)
    return markup(text.translate(_TEXT_OF_JSON))


def _hash(text: str) -> str:
    digest = base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")
    return f"'sha256-{digest}'"
