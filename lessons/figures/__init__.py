"""
The live figures, one folder a topic, one file a figure.

They draw with lessons/canvas; the widgets round a picture are in lessons/widgets/live.py.
"""
