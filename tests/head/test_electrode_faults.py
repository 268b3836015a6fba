"""Induction that a tunnel does not give, or that no formula gives."""

from pathlib import Path

import pytest

from rasterc.head.jet import JetModel
from rasterc.head.jet_limits import electrode_faults
from rasterc.profile.load import parse_profile

TEXT = Path(__file__).with_name("jet-trial.toml").read_text()


def faults(*changes):
    text = TEXT
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return [fault.message for fault in electrode_faults(JetModel(parse_profile(text)))]


def test_what_the_tunnel_gives_is_taken():
    assert faults() == []


@pytest.mark.parametrize(
    ("said", "wrong"), [(0.101, False), (0.12, False), (0.064, True), (0.2, True)]
)
def test_what_a_profile_says_is_held_against_its_tunnel(said, wrong):
    # a boundary-element model of this tunnel, 800 um round drops 286 um apart: 0.101
    found = faults(("bore_um = 800\n", f"bore_um = 800\ninduction = [{said}, 0.02]\n"))
    assert bool(found) is wrong
    assert all(f"{said:.3f}" in one for one in found)


def test_tunnels_beyond_the_formula_are_told():
    assert "continued beyond" in faults(("bore_um = 800\n", "bore_um = 400\n"))[0]
