"""What scripts that are one test each have in common."""


def check(condition, message):
    if not condition:
        raise AssertionError(message)
