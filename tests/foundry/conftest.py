"""Property tests here are about values; how long an example takes on a busy machine says nothing."""

from hypothesis import settings

settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")
