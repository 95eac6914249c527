"""`python -m stockbook` is the same as `stockbook`."""

from stockbook.cli.main import run

if __name__ == "__main__":
    run()
