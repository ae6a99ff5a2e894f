from webapp.web.downloads import BYTES, attachment


def test_a_name_cannot_leave_its_place_in_the_header():
    header = attachment(b"x", 'a"; filename="b\r\nX: y\\z%41.csv', BYTES).headers["content-disposition"]
    assert header.startswith("attachment; filename=\"a_; filename=_b__X: y_z_41.csv\"; filename*=UTF-8''a%22%3B")
    assert "\r" not in header
    assert "\n" not in header
