"""The one place that opens the user's files: read within bounds, written whole or not at all.

Inside `command`, what was read is remembered, so that nothing a command reads is ever written by
it, by whatever path or link, and nothing is written twice. "-" is standard input and output.
"""

from __future__ import annotations

from rasterc.files.finding import entries, find_files, is_file, is_folder, is_there, real_path
from rasterc.files.reading import note_read, read_file, read_text, stream_file
from rasterc.files.seen import apart, command
from rasterc.files.writing import check_outputs, claim_file, make_folder, rewrite_file, write_file

__all__ = [
    "apart",
    "check_outputs",
    "claim_file",
    "command",
    "entries",
    "find_files",
    "is_file",
    "is_folder",
    "is_there",
    "make_folder",
    "note_read",
    "read_file",
    "read_text",
    "real_path",
    "rewrite_file",
    "stream_file",
    "write_file",
]
