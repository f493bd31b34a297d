"""Run the command line as `python -m backstay`."""

from backstay.cli import main

if __name__ == "__main__":
    main()
