"""From text to a typed message: parsing, names and types, diagnostics, the formatter.

Importing this costs little: the parser is loaded when the first text is read.
"""

from rasterc.source.load import load_message, load_messages, parse_messages

__all__ = ["load_message", "load_messages", "parse_messages"]
