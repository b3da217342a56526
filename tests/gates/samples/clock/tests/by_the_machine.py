import subprocess
import sys
from datetime import datetime


def test_by_the_machine(browser, page):
    context = browser.new_context()  # read
    browser.new_page()  # read
    context.new_page()
    page.evaluate("Date.now()")  # read
    subprocess.run([sys.executable, "-c", "import time; print(time.time())"])  # read
    assert datetime.today().year == 2026  # read
