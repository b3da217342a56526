import time


def moved_to(at):
    return at - time.time()  # its home: not found


def other():
    return time.time()  # read
