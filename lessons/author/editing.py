"""
What the server does otherwise under ``python -m lessons --edit``: it hands lessons out unlocked.

The file stays as it is. Saving locks it again by the hook in ``.jupyter/jupyter_lab_config.py``,
which serves trainees and authors alike.
"""

from jupyter_server.services.contents.largefilemanager import AsyncLargeFileManager

from lessons.author.locking import unlocked


class UnlockedLessons(AsyncLargeFileManager):
    """The course's files, each notebook unlocked as it is read."""

    async def get(self, path, content=True, *arguments, **options):
        """Return a file as JupyterLab asks for it."""
        model = await super().get(path, content, *arguments, **options)
        if model["type"] == "notebook" and content:
            model["content"] = unlocked(model["content"])
        return model
