"""What all tests share: how far generated examples go."""

from hypothesis import settings

settings.register_profile("portal", deadline=None, print_blob=True)
settings.load_profile("portal")
