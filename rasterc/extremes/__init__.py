"""What a message can come to, over every value it can ever take: worst cases and repeats."""
