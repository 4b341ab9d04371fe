"""The hypothesis test that also steers whole records from a fuzzer's bytes."""

from hypothesis import HealthCheck, given, settings

from fuzzing.made_up import FOLDERS
from fuzzing.targets import records


@settings(max_examples=300, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck))
@given(FOLDERS)
def whole_records(texts: dict[str, str]) -> None:
    """Whatever records are made up by their types, they have faults for a person or become facts."""
    records(texts)
