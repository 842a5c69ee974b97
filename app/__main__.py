"""`python -m app` does what the command `holdtrip` does."""

from app.commands import main

if __name__ == "__main__":
    main()
