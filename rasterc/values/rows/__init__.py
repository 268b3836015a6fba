"""Messages over the rows of product tables.

What a row only prints is looked up like any text. A shelf life or a language of a row changes what
dates print: rows that agree in them make a *case*, and each case is a message of its own, with its
shelf life and language written in and its own keys alone (`written`). So a message over a table is
the union of plain messages, of which every room knows all already (`cases`).
"""
