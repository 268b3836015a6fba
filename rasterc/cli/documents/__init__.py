"""What the commands print with `--json`: one type for each command's document.

Every document is one object. Its first key, ``schema``, names its type and version; its
``diagnostics`` are what is to be said beside the answer. When a command cannot do what was asked it
prints a `Refusal` instead. A change that could break a reader gives a document another number.
"""
