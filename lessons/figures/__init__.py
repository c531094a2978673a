"""
The live figures' own code, one module a topic, and what they share.

`palette` the colours and what each means, `write` numbers as they stand in pictures and
sentences, `pen` the sheet a figure draws on, `plot` axes that go by factors of ten, `worldmap`
and `globe` the Earth. The widgets round a picture are in lessons/live.py.
"""
