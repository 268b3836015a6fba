"""Where the files that travel with rasterc are found: the grammar and the demo fonts.

In an installed wheel they lie inside the package (``rasterc/data``); in a checkout or an
editable install they lie at the top of the repository. Look in the package first.
"""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent
_PLACES = (_PACKAGE / "data", _PACKAGE.parent)


def resource_dir(name: str) -> Path:
    """The folder ``name`` ("grammar" or "fonts-demo") that came with this installation.

    Raises:
        FileNotFoundError: the installation is damaged.
    """
    for place in _PLACES:
        if (place / name).is_dir():
            return place / name
    raise FileNotFoundError(f"rasterc was installed without its folder {name!r}: install it again")
