package weather

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"
)

// hold checks what must be true of any bytes: a sentence and no record, or a record
// that is in order and can be summed up.
func hold(t *testing.T, text string, o Options) {
	t.Helper()
	o.Today, o.Name = today, "any"
	r, err := Read(strings.NewReader(text), o)
	if err != nil {
		told := new(Refusal)
		if r != nil || !errors.As(err, &told) || told.Code == "" || !strings.HasPrefix(told.Text, `"any" `) {
			t.Fatalf("%v with %v", err, r)
		}
		return
	}
	for i, d := range r.Days {
		if i > 0 && !r.Days[i-1].Date.Before(d.Date) {
			t.Fatalf("%v follows %v", d.Date, r.Days[i-1].Date)
		}
		if !r.Typical && today.Before(d.Date) {
			t.Fatalf("%v is to come", d.Date)
		}
		if d.HighC < d.LowC || d.HighC > 57 || d.LowC < -90 || d.RainMM < 0 || d.HumidityPct > 100 || math.IsInf(d.MeanC, 0) || d.WindMS < 0 {
			t.Fatalf("%+v cannot be", d)
		}
	}
	if _, err := json.Marshal(r.Summary()); err != nil {
		t.Fatal(err)
	}
	if r.At == nil {
		r.At = madison
	}
	if p, _, err := r.Place(); err == nil && p.Validate() != nil {
		t.Fatalf("%+v: %v", p, p.Validate())
	}
	if _, err := json.Marshal(first(r.Compare(1))); err != nil {
		t.Fatal(err)
	}
}

const (
	fuzzEPWHead     = "LOCATION,Example,WI,USA,TMYx,999999,44.10,-90.20,-6.0,300.0\nDATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31\n"
	fuzzNormalsHead = `"STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","NAME","month","MLY-TMAX-NORMAL","meas_flag_MLY-TMAX-NORMAL","years_MLY-TMAX-NORMAL","MLY-TMIN-NORMAL","MLY-PRCP-NORMAL"` + "\n"
	fuzzFixedHead   = "USC00099999202401TMAX  -28  7  -61  7-9999   \n"
	fuzzStationHead = "USC00099999,20240115,TMAX,-28,,,7,0700\n"
)

func FuzzAnyFile(f *testing.F) {
	for _, seed := range []string{
		"", fuzzEPWHead, fuzzNormalsHead, fuzzFixedHead, fuzzStationHead, openMeteoHead + "time,temperature_2m_max (°C)\n2024-01-15,3\n",
		wide("date,high_c,low_c\n2024-01-15,3,1\n", false, true), "PK\x03\x04", "\x1f\x8b", "<html>", "{}",
		"date;high_c;low_c\r2024-01-15;3,5;1,0\r", "# c\ndate high_c low_c\n2024-01-15 3 1\n", "\ufeffdate,tx,tn\n15.01.2024,3,1",
	} {
		f.Add([]byte(seed), "")
	}
	f.Fuzz(func(t *testing.T, text []byte, station string) { hold(t, string(text), Options{Station: station}) })
}

func FuzzStationLines(f *testing.F) {
	f.Add("USC00099999,20240115,TMIN,-172,,,7,0700\nUSC00099999,20240115,PRCP,36,,,7,0700\n")
	f.Add("USC00099999,20240116,TMAX,411,,X,7,0700\nUSC00099999,17991231,TAVG,0,H,,S,2400")
	f.Add("USC00088888,20240116,RHAV,411,,,7,\n,,,,\nUSC00099999,20240230,AWND,1,,,,")
	f.Fuzz(func(t *testing.T, text string) { hold(t, fuzzStationHead+text, Options{}) })
}

func FuzzFixedLines(f *testing.F) {
	f.Add("USC00099999202401TMIN -172  7 -233 I7-9999   ")
	f.Add("USC00099999202402PRCP" + strings.Repeat("    0T 7", 31) + "\n")
	f.Add("USC00099999999913TMAX    1")
	f.Fuzz(func(t *testing.T, text string) { hold(t, fuzzFixedHead+text, Options{}) })
}

func FuzzNormalLines(f *testing.F) {
	f.Add(`"USC00099999","01","   44.1000","  -90.2000"," 300.0","EXAMPLE FARM, WI US","01","    23.5"," ","30","   5.0","  0.98"` + "\n")
	f.Add(strings.Repeat(`"A","02","","","","","02","-9999","M","0","-7777","-7777"`+"\n", 3))
	f.Fuzz(func(t *testing.T, text string) { hold(t, fuzzNormalsHead+text, Options{}) })
}

func FuzzTypicalYearLines(f *testing.F) {
	hour := "2012,1,1,1,60,?9,-12.4,-15.0,81,97800,0,1415,180,0,0,0,0,0,0,0,310,3.6,7,5,16.0,77777,9,999999999,5,0.0500,20,0,0.800,0.0,1.0\n"
	f.Add(hour)
	day := ""
	for h := range 24 {
		day += strings.Replace(hour, "1,1,1,60", "1,1,"+string(rune('0'+h%10))+",60", 1)
	}
	f.Add(day)
	f.Fuzz(func(t *testing.T, text string) { hold(t, fuzzEPWHead+text, Options{}) })
}

func FuzzTableLines(f *testing.F) {
	for _, head := range []string{
		"date,high_c,low_c,rain_mm", "STATION,DATE,TMAX,TMIN,TMAX_ATTRIBUTES", "time,temperature_2m (°F),relative_humidity_2m (%)", "year,month,day,tmin,tmax",
		"yyyy mm tmax tmin af rain sun", "start,end,month,tmin,tmax", "STAID, SOUID,    DATE,   TX, Q_TX", "date;hour;temp;dwpt", "latitude,longitude,date,tx,tn,rr",
	} {
		for _, rows := range []string{
			"2024-01-15,-2.8,-17.2,3.6\n2024-01-16,NaN,-20.1,T\n", "USC00099999,2024-01-15,50,41,\",,7\"\n", "2024-01-15T06:00,28.5,70\n2024-01-15T24:00Z,28.5,70\n",
			"2024,1,15,-2,4\n", "1961 1 7.1* 1.2 --- 40.1# 50\n", "1991,2020,1,2,3\n", "1,35,20240115,-28,0\n", "15/01/2024;6:00;4,5;1\n", "-91,400,2024-01,1,2,3\n",
		} {
			f.Add(head, rows, "")
		}
	}
	f.Fuzz(func(t *testing.T, head, rows, units string) { hold(t, head+"\n"+rows, Options{Units: Units(units)}) })
}
