import datetime as dt
import time as clock
from datetime import date, datetime as moment
from time import time

import pandas
from sqlalchemy import func
from wheelside.jobs import source


class Kept:
    since = time  # read
    until: float = clock.time_ns()  # read


def reads(file, made=moment.now):  # read
    yield dt.datetime.utcnow()  # read
    yield date.today()  # read
    yield clock.strftime("%Y")  # read
    yield file.stat().st_mtime  # read
    yield func.now()  # read
    yield pandas.Timestamp("1d").now()  # read
    yield "select CURRENT_TIMESTAMP"  # read


def goes_by_the_home(sheet):
    return source.now(), source.today(), sheet.now, clock.monotonic(), clock.perf_counter(), moment.fromtimestamp(0)
