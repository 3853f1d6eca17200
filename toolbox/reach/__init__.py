"""The reach engine: seconds to fetch a thing and put it back, from geometry and motion times."""
