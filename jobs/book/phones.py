"""Telephone numbers as people read them. Pure."""

import phonenumbers


def shown(phone: str) -> str:
    """An E.164 number in its groups, “+44 20 7946 0111” (ITU-T E.123); what is no number stays as it is."""
    try:
        number = phonenumbers.parse(phone, None)
    except phonenumbers.NumberParseException:
        return phone
    return phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.INTERNATIONAL)
