"""What a message can come to, over every value it can ever take: worst cases and repeats.

For the extremes, in order: `kinds` (what can be asked), `model` (what is answered), `report` (all
of them), `search` (a message taken apart), `optimum` (the most or the least over all groups).
`groups` makes groups of what varies together: `group` says what each answers, `clockgroup`,
`tapegroup` (with `tape` and `placesearch`), `listgroup` and `shapegroup` are their kinds, `joint`
and `widths` belong to clocks, `variables` to counters and inputs. `meter` says what is measured,
`height`, `risk`, `window` and `windows` are measures of their own; `printing` makes the witness.
`dates`, `edges` and `strings` tell what else is reported.

For repeats: `repeats` asks, `model_repeats` is answered. `sight` is what of the texts goes by the
time, as `stretches` and `runs`; `recurrence` finds the closest two moments, `rounds` and `lags`
what counters do meanwhile, `touching`, `overlap` and `spellings` what fields do that touch.
`shelf_life` puts days into words.
"""
