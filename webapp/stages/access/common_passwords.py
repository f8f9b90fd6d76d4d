"""Passwords that everybody tries first. From memory, of the lists that break-ins made known.

Without their digits at the end, because nobody is kept out by those.
"""

WORDS = """
    abcdefgh abcdefghi access admin administrator adminadmin asdfasdf asdfghjk asdfghjkl baseball
    butterfly changeme changeit charlie chocolate computer default dragon eclipse
    elephant everything flower football freedom guest hello helloworld hunter iloveyou
    internet jennifer jordan letmein liverpool login loomwright lovely loveme manager master
    michael michelle monkey nothing october november december september january
    february passphrase passw0rd passwd passwort password passwordpassword p4ssw0rd p@ssw0rd
    p@ssword pa55word pa55w0rd princess qazwsx qazwsxedc qwerty qwertyui qwertyuiop
    qwertyqwerty qwertz qwertzui qwertzuiop root rootroot secret shadow snowboard soccer
    spring summer autumn winter sunshine superuser sweetheart temporary test
    testtest testing trustno trustnoone unknown user username welcome whatever workshop
    zaq12wsx zxcvbnm zxcvbnmasdfghjkl zxczxczxc harness wiring wiringloom
    1q2w3e4r 1q2w3e4r5t 1qaz2wsx 1qaz2wsx3edc 1qazxsw2 q1w2e3r4 q1w2e3r4t5 a1b2c3d4 abcd1234
    abc123456 qwe123qwe 123qweasd 123qwe123 1234qwer qwer1234 12qwaszx
    00000000 000000000 0000000000 01234567 0123456789 10203040 11111111 111111111 1111111111
    11112222 11223344 1122334455 12121212 123123123 12312312 12341234 12344321 12345678 123456789
    1234567890 12345678910 123321123 13131313 14725836 147258369 22222222 31415926 33333333
    44444444 55555555 66666666 69696969 77777777 87654321 88888888 98765432 987654321 9876543210
    99999999 aaaaaaaa aaaaaaaaa xxxxxxxx zzzzzzzz
"""
COMMON = frozenset(WORDS.split())
