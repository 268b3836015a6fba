"""From text to a typed message: parsing, names and types, diagnostics, the formatter.

Importing this costs little: the parser is loaded when the first text is read.
"""

from typing import TYPE_CHECKING

from rasterc.lazy import lazy_names

if TYPE_CHECKING:
    from rasterc.source.load import load_message, load_messages, parse_messages

__all__ = ["load_message", "load_messages", "parse_messages"]

__getattr__ = lazy_names(__name__, load="load_message load_messages parse_messages")
