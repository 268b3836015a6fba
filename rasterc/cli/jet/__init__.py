"""`rasterc jet`. Read `wanted` (its options), then `worked_out`."""
