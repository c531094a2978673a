"""
The live figures' own code, one module a topic, and what they share.

`palette` the colours and what each means, `write` numbers as they stand in pictures and
sentences, `pen` the sheet a figure draws on, `worldmap` maps and coasts. The widgets round a
picture are in lessons/live.py.
"""
