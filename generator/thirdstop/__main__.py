"""`python -m thirdstop`."""

from thirdstop.cli import main

main(prog_name="thirdstop")
