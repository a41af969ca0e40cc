"""The verdicts of test scripts in Python, in the form that tests/run counts: what tap.sh is to shell scripts.

    sys.dont_write_bytecode = True
    sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
    import tap
"""
import sys

MOST_SHOWN = 12
failed = False


def verdict(faults, name):
    """One line; of its faults, a list, the first ones behind it."""
    global failed
    print(("not ok - " if faults else "ok - ") + name)
    for fault in faults[:MOST_SHOWN]:
        print("#", fault)
    failed = failed or bool(faults)


def held(name, good, *why):
    """One line for what holds or does not; why not behind it."""
    verdict([] if good else list(why) or ["it does not hold"], name)


def finish():
    sys.exit(1 if failed else 0)
