"""The grammar's tables, the syntax tree, and how the one's output becomes the other."""
