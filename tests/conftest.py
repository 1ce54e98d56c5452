"""What all tests share: generated examples are the same in every run."""

from hypothesis import settings

settings.register_profile("portal", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("portal")
