/* What a person may have meant by a key that is none: the key that is nearest by its letters, or by
 * what its words speak of. */
#include "nearest.h"
#include "header.h"
#include "hinted.h"

const char *intake_nearest_key(const bt_own_characteristic *own, size_t n, const char *written,
                               bool readings) {
  const char *nearest = "", *key = NULL;
  size_t least = SIZE_MAX;
  for (size_t i = 0; (key = intake_key(i)) != NULL; i++) {
    int item = 0;
    intake_role role = intake_role_of(key, &item);
    size_t distance = bt_name_distance(key, written);
    if ((intake_is_held(role) || !readings) && distance < least) {
      least = distance;
      nearest = key;
    }
  }
  for (size_t i = 0; i < n; i++) {
    size_t distance = bt_name_distance(own[i].key, written);
    if (distance < least) {
      least = distance;
      nearest = own[i].key;
    }
  }
  /* Further than a slip of the pen: what its words speak of is nearer than its letters. */
  enum { SLIP = 3 };
  const char *hinted = least > SLIP ? intake_hinted_key(written) : NULL;
  return hinted == NULL ? nearest : hinted;
}
