"""rasterc: from what a product must carry to the drops a continuous inkjet coder prints."""

__version__ = "0.1.0"
