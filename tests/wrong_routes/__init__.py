"""Each slip's wrong route walked a second time, a module a topic, without geokit or the bank."""
