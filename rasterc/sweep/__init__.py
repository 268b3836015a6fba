"""Many flights of one message: maps of throw and speed, drift, firing orders, rasters compared.

`model` has the job, its cases and their figures; `case` flies one case, `judge` says whether it
can be read. `grid`, `drift` (with `drifting`, `drifted` and `around`), `tolerance` and `rivals`
make the cases of a study and sum it up. `run` works them off, in this process, in a pool of
processes or on a `cluster`; `results` and `kept` let a study go on after a kill. `fit` fits a head
to what was `measured`. `inspection` flies a message for the rules of `check`.
"""
