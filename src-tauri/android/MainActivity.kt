// To take the place of the activity that `tauri android init` writes into `gen/android`. Nothing here
// has been built or run on a phone yet.
package org.swardbook.notebook

import android.content.Context
import android.net.wifi.WifiManager

/**
 * The one window. While it is in front it holds the lock without which Android drops the packets of
 * local discovery; behind, it lets go of it, since the lock costs battery and nothing is exchanged then.
 */
class MainActivity : TauriActivity() {
    private var discovery: WifiManager.MulticastLock? = null

    override fun onResume() {
        super.onResume()
        // The activity's own context would be kept alive by the system's service.
        val wifi = applicationContext.getSystemService(Context.WIFI_SERVICE) as? WifiManager
        discovery = wifi?.createMulticastLock("swardbook")?.apply {
            // Held or not: taking it twice must not need letting go twice.
            setReferenceCounted(false)
            acquire()
        }
    }

    override fun onPause() {
        discovery?.release()
        discovery = null
        super.onPause()
    }
}
