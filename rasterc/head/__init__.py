"""The head: timing of strokes on a moving product, and the flight of their drops.

`timing` is kinematics and needs nothing else. For the flight, in order: `model` (a profile's head
in figures), `plan` (strokes on the drop grid), `flight` (drops to the product), `solve` (charges of
a stroke among its neighbours), `table` (a whole message) and `limits` (what is wrong with it).
`breakup`, `charging`, `plates`, `air`, `wake` and `coulomb` hold the formulas, `electric` and
`shield` what all drops do to each other. Many patterns fly at once: `batch`, `many` and `windows`;
`steps` flies them by numpy, `compiled` by numba (`kernel`, `kernel_run`). `kept` keeps what was
flown by all that it depends on, `version` among them.

For the jet: `jet` (what makes a `jet_state`), `jet_limits` (what is wrong), `jet_window` (how far
it may move) and `jet_map`; `landing` for the product. `liquids`, `ink`, `nozzle`, `phase`,
`spread`, `passage` and `line` hold their formulas.
"""
