"""`rasterc fly`. Read `wanted` (its options), then `flights`, which works out most of them."""
