from datetime import UTC, datetime


def machine():
    return datetime.now(UTC)  # its home: not found


def today():
    return datetime.now(UTC).date()  # read


def monotonic():
    import time

    return time.monotonic()
