"""``python -m partsolver``, and the command that is installed."""


def main() -> None:
    """Run the command line. Ctrl-C while it is loaded ends it as it does later: no traceback, exit code 130."""
    try:
        from partsolver.cli import main as run

        run()
    except KeyboardInterrupt:
        import os

        try:
            os.write(2, b"partsolver: interrupted\n")
        finally:
            os._exit(130)


if __name__ == "__main__":
    main()
