"""From text to a typed message: parsing, names and types, diagnostics, the formatter.

A text comes in; a `Message` goes out, or every mistake with its place. Read first what goes out
(`message`, with its `declarations` and `pieces`), then the rooms in the order of the work:

- `tree`: the grammar, and the syntax tree: what a text says before its names are known;
- `repair`: mistakes of syntax, mended so that reading goes on;
- `parse`: from text to tree, by both;
- `products`: CSV files of product tables, read with every fault at its place;
- `meaning`: names and kinds: from the tree to messages;
- `formatting`: from the tree to the canonical text;
- `load`: files, with the files that they use.

Importing this costs little: the parser is loaded when the first text is read.
"""

from typing import TYPE_CHECKING

from rasterc.lazy import lazy_names

if TYPE_CHECKING:
    from rasterc.source.load import load_message, load_messages, parse_messages

__all__ = ["load_message", "load_messages", "parse_messages"]

__getattr__ = lazy_names(__name__, load="load_message load_messages parse_messages")
