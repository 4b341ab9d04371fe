"""What has to be made is sent in parcels of many frames where that is cheaper, and nothing is lost with one of them."""

from passport.publish.build.making import _here_or_there
from passport.publish.outputs.tasks import Made, Task
from passport.publish.workers.pool import Lost


class Sent:
    """Stands in for a cluster: notes what it was given, and dies of what is called "deadly"."""

    def __init__(self) -> None:
        """Nothing was sent yet."""
        self.items = []

    def each(self, function, items):
        """What the function brings, but for items that somebody would die of."""
        for item in items:
            self.items.append(item)
            tasks = [task for part in item for task in (part if isinstance(part, list) else [part])]
            yield item, Lost("died") if any(task.key == "deadly" for task in tasks) else function(item)


def _batches(*keys):
    """Two tasks of each frame, which nobody can make: what comes back says so."""
    return [[Task("frame", key, key, b"{"), Task("data", key, key, b"{")] for key in keys]


def test_frames_go_out_together_and_come_back_each_by_itself():
    """Seven frames in parcels of three: three items are sent, and each frame's files come back as one result."""
    sent = Sent()
    found = list(_here_or_there(sent, _batches(*"abcdefg"), 3))
    assert [len(item) for item in sent.items] == [3, 3, 1]
    assert [batch[0].key for batch, _ in found] == list("abcdefg")
    assert all(
        isinstance(made, Made) and made.name == task.name for b, r in found for task, made in zip(b, r, strict=True)
    )


def test_of_a_lost_parcel_each_frame_is_tried_by_itself():
    """Of four frames one kills whoever makes it: that one alone is lost."""
    found = {batch[0].key: result for batch, result in _here_or_there(Sent(), _batches("a", "deadly", "c", "d"), 4)}
    assert {key for key, result in found.items() if isinstance(result, Lost)} == {"deadly"}
    assert set(found) == {"a", "deadly", "c", "d"}


def test_what_is_only_copied_is_made_here():
    """A file that only this computer has is never sent."""
    sent = Sent()
    found = list(_here_or_there(sent, [[Task("robots", "", "pages")], *_batches("a")], 3))
    assert [task.kind for item in sent.items for batch in item for task in batch] == ["frame", "data"]
    assert {batch[0].kind for batch, _ in found} == {"robots", "frame"}
