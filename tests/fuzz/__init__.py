"""Coverage-guided fuzzing of every parser: ``python -m tests.fuzz`` (needs ``pip install -e '.[test,fuzz]'``)."""
