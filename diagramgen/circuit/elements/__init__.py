"""The elements a circuit is made of, one file a kind: ``registry`` finds them, ``element`` says what each must be."""
