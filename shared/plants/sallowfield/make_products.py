"""Make the product table of this plant: the same 500 rows each time. Run: python make_products.py

What a product keeps, weighs and says goes by its kind; the rest is drawn, with a fixed start.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from itertools import count, islice, product
from pathlib import Path
from random import Random

TABLE = Path(__file__).parent / "messages" / "products.csv"
ROWS = 500
FIRST_ITEM = 200_420_000_001
"""The company's numbers begin with 020, which GS1 leaves to numbers used within one company."""


@dataclass(frozen=True)
class Kind:
    """A kind of product: its hall, its names, and what they keep."""

    hall: str
    letter: str
    unit: str
    life_days: tuple[int, ...]
    nets: tuple[str, ...]
    storage: str
    names: tuple[str, ...]


KINDS = (
    Kind("cups", "D", "days", (9, 12, 16, 21, 28, 35), ("150 g", "250 g", "450 g", "500 ml"),
         "+2 to +7", ("Buttermilk", "Skyr", "Quark", "Kefir", "Cream", "Yoghurt", "Crème fraîche")),
    Kind("bakery", "B", "days", (4, 5, 6, 8, 45, 90, 240), ("250 g", "400 g", "750 g", "800 g"),
         "dry", ("Rye loaf", "Toast", "Baguette", "Rolls", "Crispbread", "Shortbread", "Muffins")),
    Kind("bottles", "F", "days", (180, 270, 365, 420, 540), ("330 ml", "500 ml", "750 ml", "1 l"),
         "cool", ("Elderflower", "Lemonade", "Kellerbier", "Cola", "Apple juice", "Tomato sauce")),
    Kind("cases", "P", "days", (540, 730, 900), ("85 g", "400 g", "800 g", "12 x 150 g"),
         "dry", ("Cat food", "Dog food", "Puppy food", "Biscuits for dogs")),
    Kind("tubes", "K", "days", (730, 900, 1095), ("50 ml", "75 ml", "150 ml"),
         "below 25", ("Hand cream", "Sun milk", "Toothpaste", "Balm")),
)  # fmt: skip
FLAVOURS = ("plain", "cherry", "vanilla", "apricot", "honey", "oat", "lemon", "mint", "walnut",
            "spelt", "pear", "elder", "ginger", "trout", "duck", "rosehip", "Łowicz",
            "Bärlauch")  # fmt: skip
LANGUAGES = ("en", "de", "fr", "pl", "cs", "it", "es", "nl", "sv", "fi", "pt", "el")
HEADER = (
    "article", "gtin", "name", "language", "line", "life", "unit", "net", "storage", "recipe",
)  # fmt: skip


def main() -> None:
    """Write the table."""
    with TABLE.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(HEADER)
        writer.writerows(rows())


def rows() -> list[tuple[str, ...]]:
    """The rows, by article."""
    draw = Random(2027)
    sorts = [(kind, name, flavour) for kind in KINDS for name, flavour in sorts_of(kind)]
    draw.shuffle(sorts)
    recipes = draw.sample(range(100, 1000), ROWS)
    numbered = zip(count(FIRST_ITEM), islice(sorts, ROWS), recipes)
    return sorted(row(number, *sort, recipe, draw) for number, sort, recipe in numbered)


def sorts_of(kind: Kind) -> list[tuple[str, str]]:
    """The products of a kind, by name and flavour."""
    return list(product(kind.names, FLAVOURS))


def row(
    number: int, kind: Kind, name: str, flavour: str, recipe: int, draw: Random
) -> tuple[str, ...]:
    """One product."""
    language = draw.choice(LANGUAGES)
    net = draw.choice(kind.nets)
    return (
        f"{kind.letter}{number - FIRST_ITEM + 1:04}",
        with_check_digit(f"{number:013}"),
        f"{name}, {flavour}, {net}",
        language,
        kind.hall,
        str(draw.choice(kind.life_days)),
        kind.unit,
        net,
        kind.storage,
        f"{kind.letter}{recipe}",
    )


def with_check_digit(number: str) -> str:
    """Thirteen digits with the GS1 check digit behind them (GS1 General Specifications, 7.9)."""
    total = sum(int(d) * (3 if i % 2 == 0 else 1) for i, d in enumerate(number))
    return f"{number}{-total % 10}"


if __name__ == "__main__":
    main()
