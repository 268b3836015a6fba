"""The head: timing of strokes on a moving product, and the flight of their drops.

`timing` is kinematics and needs nothing else. For the flight, in order: `model` (a profile's head
in figures), `plan` (strokes on the drop grid), `flight` (drops to the product), `solve` (charges of
a stroke among its neighbours), `table` (a whole message), `limits` (what is wrong with it) and
`compare` (throws, speeds, firing orders). `breakup`, `charging`, `plates`, `air` and `coulomb` hold
the formulas.

For the jet: `jet` (its states), `jet_limits` (what is wrong), `jet_window` (how far it may move)
and `jet_map`; `landing` for the product. `liquids`, `ink`, `nozzle`, `phase`, `spread`, `passage`
and `line` hold their formulas.
"""
