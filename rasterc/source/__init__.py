"""From text to a typed message: parsing, names and types, diagnostics, the formatter."""
