"""How a stage says no: one plain sentence, and the field that it stands beside."""


class Refused(Exception):
    def __init__(self, field: str, sentence: str) -> None:
        super().__init__(sentence)
        self.field = field
        self.sentence = sentence
