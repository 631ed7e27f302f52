"""thirdstop: a house recipe book for small portrait studios."""

__version__ = "0.1.0"
