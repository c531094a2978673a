"""The files of a class: answer sheets and what stands in them, settings, changed marks, lists."""
