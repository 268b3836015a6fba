"""A fit that the readings do not confirm leaves the band of the wake as wide as it was."""

from pathlib import Path

from rasterc.profile.load import load_profile

HEADS = Path(__file__).parents[2] / "shared" / "heads"
MIDDLE = HEADS / "head-middle.toml"


def test_a_model_that_cannot_explain_narrows_no_band(program, tmp_path):
    sure, wrong = HEADS / "measured-middle.csv", tmp_path / "wrong.csv"
    wrong.write_text(sure.read_text().replace("single,4.739", "single,5.4"))  # 40 deviations off
    bands = []
    for measured, code in ((sure, 0), (wrong, 1)):
        fitted = tmp_path / f"fitted-{code}.toml"
        text = program("jet", MIDDLE, "--fit", measured, "--out", fitted, code=code).text
        assert ("cannot explain" in text) is bool(code)
        bands.append(load_profile(fitted).flight.wake)
    narrow, wide = bands
    own = load_profile(MIDDLE).flight.wake
    assert narrow[2] - narrow[0] < 0.1
    assert wide[0] <= own[0] and wide[2] >= own[2]
    assert wide[0] < wide[1] < wide[2]
