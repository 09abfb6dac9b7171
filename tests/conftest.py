"""What every test shares."""

from hypothesis import HealthCheck, settings

settings.register_profile("busy machine", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("busy machine")
