"""`python -m service`."""

from service.cli.main import main

if __name__ == "__main__":
    main()
