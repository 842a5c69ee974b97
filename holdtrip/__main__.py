"""`python -m holdtrip` does what the command `holdtrip` does."""

from holdtrip.commands import main

if __name__ == "__main__":
    main()
